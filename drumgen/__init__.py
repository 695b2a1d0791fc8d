"""drumgen: stickings become grooves, fills and phrases for the drum kit."""

__version__ = "0.1.0"
