"""What the light falls on: the surfaces of the room."""
