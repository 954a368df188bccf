"""Tests of the pages of costing."""
