"""The patterns: one module each, ending in `PATTERN`. They never import each other.

To add one: declare its fields with `asked`, place its pieces with `Draft.part`, and join them with
`Draft.joint`. What several patterns share lives beside this folder (`pattern`, `drawer_box`). The
contract test finds the new pattern by itself.
"""
