"""Text, diagrams and exports of a plan: nothing here computes what a plan lacks."""
