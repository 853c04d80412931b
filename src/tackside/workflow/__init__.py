"""The jobs of the person at the bench: one function a job, called alike by the terminal, the browser and tests."""
