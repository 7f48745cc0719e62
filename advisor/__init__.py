"""A pit-side advisor for kart handling: hear, rule out, rank, try, judge, remember."""
