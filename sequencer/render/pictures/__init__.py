"""Plans, machines and schedules as pictures: SVG, or DOT for the drawing program."""
