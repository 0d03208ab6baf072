"""The gauges step."""
