"""Air under vacuum and under pressure."""
