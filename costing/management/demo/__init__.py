"""The demo: an invented workshop with its people, its rack and its work. Its data are in costing/data/demo."""
