"""The joint types: one module each, ending in `JOINT`. They never import each other."""
