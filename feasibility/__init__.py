"""Supply-side feasibility checker for steady rectifier loads on existing supplies."""

__version__ = "0.1.0"
