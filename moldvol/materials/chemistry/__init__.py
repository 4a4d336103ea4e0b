"""What happens as a resin cures: mix ratios from data sheets, catalyst, rate, heat, shrinkage."""
