#pragma once
/// The evening's typing: one door after the other by keys alone. Day, crew and street stay; each visit is kept at once and can be taken back.
#include <QWidget>
#include <map>
#include <string>
#include <vector>

#include "viewer/study/type_in.h"

class QGridLayout;
class QLabel;
class QLineEdit;

namespace leeward::window {

class CheckGrid;
class Workroom;

/// Keys: Enter leads to the next field, Ctrl+Enter keeps the visit, Ctrl+D begins another animal at the same door, Escape ends.
class TypingPage : public QWidget {
  Q_OBJECT

 public:
  explicit TypingPage(Workroom& room, QWidget* parent = nullptr);
  void begin(const QStringList& streets);  ///< a new sitting; streets are offered as one types
  bool hasChanged() const { return kept_ > 0; }

 signals:
  void finished();

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;

 private:
  QWidget* makeField(const std::string& field);
  void addFields(QGridLayout* form, const std::vector<const char*>& fields);
  QString value(const std::string& field) const;
  void setValue(const std::string& field, const QString& text);
  study::TypedRow animal() const;
  void keepVisit();
  void nextAnimal();
  void clearDoor();
  void clearAnimal();
  void say(const QString& words);
  void tell();

  Workroom& room_;
  std::map<std::string, QWidget*> fields_;
  CheckGrid* checks_;
  QLabel *finding_, *said_;
  std::vector<study::TypedRow> animals_;  ///< of the door in hand, those that are typed already
  int kept_ = 0;
  bool is_keeping_ = false;
};

}  // namespace leeward::window
