"""How reports look: golden files at two widths, data made harmless, machine rows."""
