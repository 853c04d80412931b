"""Work in the background: each job in a process of its own, with limits, a share to show, and a lasting end."""
