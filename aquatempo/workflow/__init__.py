"""The use cases, one function each: what the command line and other programs call.

Each module holds one job and is imported when the job is done, because some of them
load numpy, scipy and decoders.
"""
