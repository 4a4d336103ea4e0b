"""The wall room: how thick a part is, felt with rays from all over its surface."""
