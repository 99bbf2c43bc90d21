"""Phones on the studio's own network: pairing, what they are told, what they may call, and the server they speak to."""
