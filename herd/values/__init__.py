"""Plain Python values of the trade: numbers on tags, weights, dates; no Django."""
