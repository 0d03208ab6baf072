"""From pictures of a scale model to the packet on the shop floor of a hand-made vehicle body."""

__version__ = "0.1.0"
