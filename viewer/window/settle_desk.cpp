#include "viewer/window/settle_desk.h"

#include <utility>

#include <QCoreApplication>
#include <QPointer>

namespace leeward::window {
namespace {

template <class Act>
void inWindowOf(const QPointer<SettleDesk>& desk, Act act) {
  QMetaObject::invokeMethod(
      QCoreApplication::instance(), [desk, act = std::move(act)] { if (desk) act(*desk); }, Qt::QueuedConnection);
}

QString textOf(const Problem& problem) { return QString::fromStdString(problem.text()); }

}  // namespace

SettleDesk::SettleDesk(QObject* parent) : QObject(parent) { worker_.setMaxThreadCount(1); }

SettleDesk::~SettleDesk() { worker_.waitForDone(); }

void SettleDesk::open(const std::filesystem::path& folder) {
  folder_ = folder;
  list();
}

void SettleDesk::list() {
  worker_.start([desk = QPointer<SettleDesk>(this), folder = folder_] {
    auto found = study::openAddresses(folder);
    if (!found) return inWindowOf(desk, [text = textOf(found.problem())](SettleDesk& self) { emit self.failed(text); });
    inWindowOf(desk, [list = *std::move(found)](SettleDesk& self) { emit self.listed(list); });
  });
}

void SettleDesk::settle(study::SettleRequest request) {
  request.folder = folder_;
  worker_.start([desk = QPointer<SettleDesk>(this), request = std::move(request)] {
    Progress progress;
    const auto done = study::settle(request, progress);
    if (!done) return inWindowOf(desk, [text = textOf(done.problem())](SettleDesk& self) { emit self.failed(text); });
    const auto lines = study::describe(request, *done);
    inWindowOf(desk, [words = QString::fromStdString(lines.empty() ? "" : lines.front())](SettleDesk& self) { emit self.settled(words); });
  });
  list();
}

}  // namespace leeward::window
