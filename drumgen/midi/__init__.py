"""Standard MIDI Files: performances out, takes in. The only room that imports mido."""
