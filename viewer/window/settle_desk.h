#pragma once
/// Settling addresses from the window: the ledger is read and written on a thread of its own, one thing after the other.
#include <QObject>
#include <QThreadPool>
#include <filesystem>

#include "viewer/study/settle.h"

namespace leeward::window {

class SettleDesk : public QObject {
  Q_OBJECT

 public:
  explicit SettleDesk(QObject* parent = nullptr);
  ~SettleDesk() override;  ///< waits for what is under way: a decision is never half kept

  void open(const std::filesystem::path& folder);  ///< ends with listed() or failed()
  /// Keeps the decision, or takes the last one back, and lists again. Ends with settled() and listed(), or failed().
  void settle(study::SettleRequest request);

 signals:
  void listed(leeward::study::SettleList list);
  void settled(const QString& words);
  void failed(const QString& problem);

 private:
  void list();
  std::filesystem::path folder_;
  QThreadPool worker_;
};

}  // namespace leeward::window
