"""A second generator of files, which shares nothing with the first: neither shapes nor seeds.

Manifolds in manifolds with check valves in every other branch, bores from a pipette to a ship's
main, names in many scripts, numbers as people type them; and then, in some, mistakes.
"""
