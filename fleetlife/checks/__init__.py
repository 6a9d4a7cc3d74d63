"""The register of findings, one module a family.

Each check names what it looks at and judges candidate rows; it returns findings as values,
never raises or prints them.
"""
