"""Lots: many shifts -> results, percent within limits, pay; worked out whenever somebody looks."""
