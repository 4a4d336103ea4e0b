"""What is seen: each panel draws a session and turns its knobs, and decides nothing itself."""
