"""Tables of the trade, each row with its source: rudiments, General MIDI, staff places, limits, cautions."""
