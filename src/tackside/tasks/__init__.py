"""Many pieces of work: in threads, in processes of this machine, on a cluster; and what can be made again, cached."""
