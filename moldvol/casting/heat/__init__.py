"""The heat room: how hot a cast or a mould gets, where and when."""
