#include "viewer/study/findings.h"

namespace leeward::study {

const std::vector<BlockState>& blockStates() {
  static const std::vector<BlockState> kStates = {{"never", "never looked at"},
                                                  {"nobody", "nobody reached"},
                                                  {"none", "no dog found"},
                                                  {"ontime", "dogs known, all on time"},
                                                  {"overdue", "dogs known, some overdue"}};
  return kStates;
}

}  // namespace leeward::study
