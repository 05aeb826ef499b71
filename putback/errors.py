"""Every error a person can cause or meet. Its text is the sentence the person reads.

    PutbackError
    ├── BadInput             what was typed or asked for cannot be done as it stands
    │   ├── Unreadable       a reading that means nothing, or more than one thing
    │   ├── Refused          the record does not allow it; nothing was changed
    │   └── BadSessionFile   a session file with an error; names file, step and error
    └── StoreError           the workshop folder
        ├── NotAWorkshop     the folder is a file, or holds something else
        ├── NewerVersion     written by a newer Putback
        ├── Damaged          a line or file fails its checksum or does not parse
        ├── InUse            another copy holds the workshop; this one may only read
        └── DiskTrouble      the disk is full, gone or will not take the write

The one place that shows them is the command line's `main` and the app's `refused` line. Nobody
catches `Exception`.
"""


class PutbackError(Exception):
    """A plain sentence for the person at the bench."""


class BadInput(PutbackError):
    """What was typed or asked for cannot be done as it stands."""


class Unreadable(BadInput):
    """A reading that means nothing, or more than one thing."""


class Refused(BadInput):
    """The record does not allow it; nothing was changed."""


class BadSessionFile(BadInput):
    """A session file with an error; the sentence names file, step and error."""


class StoreError(PutbackError):
    """The workshop folder could not be read or written."""


class NotAWorkshop(StoreError):
    """The folder is a file, or holds something else."""


class NewerVersion(StoreError):
    """Written by a newer Putback than this one."""


class Damaged(StoreError):
    """A line or a file fails its checksum or does not parse."""


class InUse(StoreError):
    """Another copy holds the workshop; this one may only read."""


class DiskTrouble(StoreError):
    """The disk is full, gone, or will not take the write."""
