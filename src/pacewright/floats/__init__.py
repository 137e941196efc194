"""4 floats: how many spare units of each kind so that no vehicle waits."""
