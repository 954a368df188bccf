"""Tests of the printed papers."""
