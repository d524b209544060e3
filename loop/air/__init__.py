"""Air in the loop: high points, priming, trapped pockets, bleed valves."""
