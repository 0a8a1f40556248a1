#include "shared/base/heap.h"

#include <cstdint>
#include <cstdlib>
#include <limits>

#if defined(__GLIBC__)
#include <malloc.h>
#include <sys/mman.h>
#include <unistd.h>
#endif

namespace leeward {

void useLargePages() {
#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
  constexpr std::size_t kPage = std::size_t{2} << 20, kLargestBlock = std::size_t{32} << 20, kBlocks = 32;
  mallopt(M_MMAP_THRESHOLD, static_cast<int>(kLargestBlock));
  mallopt(M_TRIM_THRESHOLD, std::numeric_limits<int>::max());
  // The heap grows by blocks that are not touched; it is advised as a whole, and stays when they are given back to it.
  const auto begin = reinterpret_cast<std::uintptr_t>(sbrk(0));
  void* blocks[kBlocks];
  for (void*& block : blocks) block = std::malloc(kLargestBlock - 64);
  const auto end = reinterpret_cast<std::uintptr_t>(sbrk(0));
  const auto from = (begin + kPage - 1) / kPage * kPage, to = end / kPage * kPage;
  if (from < to) (void)madvise(reinterpret_cast<void*>(from), to - from, MADV_HUGEPAGE);
  for (void* block : blocks) std::free(block);
#endif
}

}  // namespace leeward
