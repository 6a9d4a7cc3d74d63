"""What may go where: eligibility and effectivity, alternates, intermix, harness; pressure for temperature.

Pure functions over rows of reference data; the answer carries its reasoning.
"""
