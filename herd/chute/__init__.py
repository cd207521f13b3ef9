"""The chute page: a face that works on a phone or tablet for a day without network, through the public API only."""
