"""Sets that were not used for training or tuning: breaks, drum machine, mixes, sung pop, further.

The design note docs/design/yardstick.md says how each is made and when it was heard.
"""
