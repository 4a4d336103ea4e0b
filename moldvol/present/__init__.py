"""How a plan is told: terminal, JSON, printable sheet, pictures. Computes nothing."""
