"""The names that General MIDI has for the keys of the kits' voices."""

from __future__ import annotations

KEY_NAMES = {  # General MIDI System Level 1, percussion key map; rimshot and the half-open hat: common practice
    "kick": "Bass Drum 1",
    "snare": "Acoustic Snare",
    "cross-stick": "Side Stick",
    "rimshot": "Electric Snare",
    "hihat": "Closed Hi Hat",
    "hihat-half": "Open Hi-Hat",
    "hihat-open": "Open Hi-Hat",
    "hihat-foot": "Pedal Hi-Hat",
    "ride": "Ride Cymbal 1",
    "ride-2": "Ride Cymbal 2",
    "ride-bell": "Ride Bell",
    "crash": "Crash Cymbal 1",
    "crash-2": "Crash Cymbal 2",
    "splash": "Splash Cymbal",
    "china": "Chinese Cymbal",
    "high-tom": "High Tom",
    "mid-tom": "Low-Mid Tom",
    "low-tom": "Low Tom",
    "floor-tom": "High Floor Tom",
    "floor-tom-2": "Low Floor Tom",
    "cowbell": "Cowbell",
    "woodblock": "Hi Wood Block",
    "tambourine": "Tambourine",
    "clap": "Hand Clap",
    "pad": "Side Stick",
    "click": "Low Wood Block",
    "click-accent": "Hi Wood Block",
}
