"""The joint types: one module each, ending in `JOINT`. They never import each other.

To add one: write its module (own dimensions with rules of thumb, what it refuses, its members as
solids), and give its operations rows in `orders/data/standard_times.csv`. Geometry that several
types share lives beside this folder (`tenons`, `laps`, `tails`, `mitres`). The contract test finds
the new type by itself.
"""
