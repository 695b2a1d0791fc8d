"""The sound of the kit: SoundFonts read, strokes rendered, tracks mixed and encoded."""
