"""Streets: their folders kept byte for byte, what is read from them, their plan."""
