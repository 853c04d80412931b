"""What is prepared to be looked at, into the cache: live proofs, gamuts, profiles, scans."""
