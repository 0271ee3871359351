"""buildcheck: a pushrod engine top end, checked before parts are ordered."""

__version__ = "0.1.0"
