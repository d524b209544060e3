"""What the flow means: heat, suction, speed and energy, as numbers against their limits."""
