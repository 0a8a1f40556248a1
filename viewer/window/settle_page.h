#pragma once
/// Addresses that the placing could not decide, one after the other: the words as typed, the places that they may mean, one key each.
#include <optional>

#include <QWidget>

#include "viewer/study/settle.h"

class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;

namespace leeward::window {

/// Keys: 1 to 9 take a place, 0 none of them, right and left go to the next address and back, U takes the last decision back, Escape ends.
/// A click on the map sets the place where it lies (placeAt). What is asked for goes out as decided(); the answer comes by setList().
class SettlePage : public QWidget {
  Q_OBJECT

 public:
  explicit SettlePage(QWidget* parent = nullptr);

  void begin();  ///< a new sitting
  /// What is open now; the address that was shown stays shown if it still is.
  void setList(study::SettleList list);
  void say(const QString& words);  ///< what was done, or what went wrong
  /// The address in hand lies here (lon, lat).
  void placeAt(Point position);
  /// The address in hand; nothing if none is open.
  const study::OpenAddress* current() const;
  bool hasChanged() const { return decisions_ > 0; }

 signals:
  void decided(leeward::study::SettleRequest request);
  void shown();     ///< another address is in hand, or the list has changed
  void finished();

 protected:
  void keyPressEvent(QKeyEvent* event) override;

 private:
  void show(std::size_t index);
  void take(std::size_t choice);
  void decide(study::SettleRequest request);

  study::SettleList list_;
  std::size_t index_ = 0;
  int decisions_ = 0;  ///< kept less taken back, in this sitting
  QLabel *finding_, *typed_, *why_, *said_;
  QListWidget* choices_;
  QLineEdit* reads_;
  QPushButton *none_, *undo_;
};

}  // namespace leeward::window
