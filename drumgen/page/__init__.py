"""The audition page."""
