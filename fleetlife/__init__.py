"""Component life and interchangeability tracking for aircraft emergency-evacuation equipment.

`import fleetlife` loads neither SQLAlchemy nor pandas; what needs them imports them inside.
"""

__version__ = "0.1.0"
