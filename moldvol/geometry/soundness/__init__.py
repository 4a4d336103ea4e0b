"""The soundness room: does a heap of triangles close up, into which bodies, and what does mending it cost."""
