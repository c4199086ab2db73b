"""The foreman's board: what lies on the ground now, the clocks that run, who waits, what is next; it reads and writes nothing."""
