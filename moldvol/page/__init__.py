"""The bench: a local page to drop a mesh on, turn the knobs, and pour by. Parses, calls, presents; computes nothing."""
