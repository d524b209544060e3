"""What the flow means: air, heat, suction and speed, as numbers against their limits."""
