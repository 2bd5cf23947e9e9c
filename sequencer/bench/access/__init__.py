"""Who may open the page: the door, devices that have joined, certificates."""
