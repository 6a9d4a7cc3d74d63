"""The register of findings, one module a family: life, paper, fit, identity, work, stores, ledger.

Each check judges rows that a candidate query brought (`rows.py` says what is in them); it yields findings as
values, all of them, and never raises or prints. `every.py` imports the whole register.
"""
