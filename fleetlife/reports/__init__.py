"""How it looks: values in, rich renderables and pages out. Prints nothing."""
