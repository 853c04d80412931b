"""Why a print is as it is: the causes weighed by symptoms, answers, or forward models."""
