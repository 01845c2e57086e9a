"""The slots of the chain, and the kinds that fill them: a file a slot."""
