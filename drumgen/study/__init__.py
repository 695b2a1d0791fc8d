"""Study: what a phrase asks of the limbs, and what was played."""
