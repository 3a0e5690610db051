"""What is judged at the printer side, in the pose of printing: can it be printed, and as drawn?"""
