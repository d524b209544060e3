"""Throttle valves: balancing branches, limiting flows, which valves serve which unit."""
