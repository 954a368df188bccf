"""What the pages of the workshop need beside the formats that every page has."""
