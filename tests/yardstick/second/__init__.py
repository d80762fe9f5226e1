"""The second development set: music of free packages whose beats follow from their files.

Built by ``build_second.sh``, which runs ``python -m yardstick.second``. One table and one
builder for each kind: gm, groove, module, loop, lmms.
"""
