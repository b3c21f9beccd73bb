"""Result in, bytes out: what people read and look at."""
