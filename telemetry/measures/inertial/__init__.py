"""What acceleration tells: how hard an end is shaken, how much of it reaches the chassis, how it moves."""
