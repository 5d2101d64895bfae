"""The steps of the chain, up and down."""
