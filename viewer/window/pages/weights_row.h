#pragma once
/// A name, a slider and its number: one thing that a person may move. What is moved can be taken back (Ctrl+Z).
#include <QWidget>
#include <functional>

class QDoubleSpinBox;
class QSlider;

namespace leeward::window {

struct Moved {
  QString words;   ///< "&Hours of an outing"
  const char* name;
  double low = 0, high = 1, step = 0.1;
  int decimals = 1;
  QString unit;    ///< behind the number
};

class WeightsRow : public QWidget {
  Q_OBJECT

 public:
  /// narrow: the words above the number and no slider, so that three stand side by side.
  explicit WeightsRow(const Moved& moved, bool narrow = false, QWidget* parent = nullptr);
  void setValue(double value);  ///< without telling
  double value() const;

 signals:
  void moved(double value);

 private:
  QSlider* slider_;
  QDoubleSpinBox* number_;
  Moved what_;
};

}  // namespace leeward::window
