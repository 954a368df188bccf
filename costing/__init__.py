"""The rack, glue, rates, estimates, quotes, labour figures and printed papers."""
