"""The kart model under the words: what a lever does to loads, lift and balance of this kart, with its spread."""
