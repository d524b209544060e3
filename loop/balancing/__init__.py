"""Throttle valves: balancing branches, limiting flows, and which valves serve which unit."""
