"""How it looks: values in, rich renderables and pages out. Prints nothing.

Comes in: the values of `terms.views`, findings, problems by their attributes. Every piece of data passes through
`harmless` and rich's Text, never through markup. Part and serial numbers are never cut: columns give way to them.
"""
