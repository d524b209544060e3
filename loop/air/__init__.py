"""Air in the loop: high points, priming, pockets that stay, bleed valves."""
