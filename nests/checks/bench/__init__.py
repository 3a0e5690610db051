"""What is judged at the bench side: does the holder do its work, and harm nothing?"""
