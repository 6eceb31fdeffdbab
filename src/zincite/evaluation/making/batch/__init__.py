"""The batch record: weights, steps, holds and its review."""
