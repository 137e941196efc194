"""Unit kinds, what fits what, floats held, operations with their occurrence factors, tests."""
