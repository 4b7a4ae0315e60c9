"""The accuracy board: published values beside what the engine gives, counted by family."""
