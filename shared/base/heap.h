#pragma once
/// Memory in large pages, for programs that read whole files into columns.

namespace leeward {

/// From here on most of what the calling thread allocates lies in one heap of 2 MB pages, which is not given back before the end. Taking in a
/// file touches hundreds of megabytes once; in pages of 4 kB the kernel's work for each first touch costs more than the reading itself
/// (two to three times as much on virtual machines). Untouched memory costs nothing. Call it once, at the start of main; where the system
/// has no such pages nothing changes.
void useLargePages();

}  // namespace leeward
