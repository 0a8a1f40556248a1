#include "viewer/window/pages.h"

#include <QCoreApplication>

namespace leeward::window {
namespace {

QString words(const char* text) { return QCoreApplication::translate("pages", text); }

}  // namespace

const std::vector<PageKind>& pageKinds() {
  static const std::vector<PageKind> kKinds = {
      {"bring_in", "bring_in", words("Bring in"), makeBringInPage},
      {"been", "been", words("Been and not been"), makeBeenPage},
      {"next", "next", words("Where next"), makeNextPage},
      {"need", "need", words("Where need is"), makeNeedPage},
      {"changed", "changed", words("What changed"), makeChangedPage},
      {"due", "due", words("What is due"), makeDuePage},
      {"hand_over", "hand_over", words("Hand over"), makeHandOverPage},
  };
  return kKinds;
}

}  // namespace leeward::window
