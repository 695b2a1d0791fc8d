"""Paper: phrases as MusicXML and engraved sheets."""
