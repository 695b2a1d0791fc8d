"""Standard MIDI Files: performances out, takes in."""
