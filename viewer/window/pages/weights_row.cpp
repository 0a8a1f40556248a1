#include "viewer/window/pages/weights_row.h"

#include <QDoubleSpinBox>
#include <QBoxLayout>
#include <QLabel>
#include <QSignalBlocker>
#include <QSlider>
#include <cmath>

#include "viewer/window/style.h"

namespace leeward::window {

WeightsRow::WeightsRow(const Moved& what, bool narrow, QWidget* parent) : QWidget(parent), slider_(new QSlider(Qt::Horizontal)), number_(new QDoubleSpinBox), what_(what) {
  auto* row = new QBoxLayout(narrow ? QBoxLayout::TopToBottom : QBoxLayout::LeftToRight, this);
  row->setContentsMargins(0, 0, 0, 0);
  row->setSpacing(narrow ? 2 : kGrid);
  auto* label = new QLabel(what.words);
  label->setFont(fontFor(Text::Body));
  label->setWordWrap(true);
  label->setBuddy(number_);
  const QString plain = QString(what.words).remove(QLatin1Char('&'));
  number_->setObjectName(what.name);
  number_->setFont(fontFor(Text::Body));
  number_->setRange(what.low, what.high);
  number_->setSingleStep(what.step);
  number_->setDecimals(what.decimals);
  number_->setSuffix(what.unit);
  number_->setAccessibleName(plain);
  number_->setMinimumWidth(grown(12 * kGrid));
  slider_->setRange(0, static_cast<int>(std::lround((what.high - what.low) / what.step)));
  slider_->setAccessibleName(tr("%1, as a slider").arg(plain));
  slider_->setObjectName(QString::fromLatin1(what.name) + QStringLiteral("_slider"));
  row->addWidget(label, narrow ? 0 : 2);
  row->addWidget(slider_, narrow ? 0 : 3);
  slider_->setVisible(!narrow);
  if (narrow) label->setFont(fontFor(Text::Small));
  row->addWidget(number_);
  connect(slider_, &QSlider::valueChanged, number_, [this](int at) { number_->setValue(what_.low + at * what_.step); });
  connect(number_, &QDoubleSpinBox::valueChanged, this, [this](double value) {
    const QSignalBlocker quiet(slider_);
    slider_->setValue(static_cast<int>(std::lround((value - what_.low) / what_.step)));
    emit moved(value);
  });
}

void WeightsRow::setValue(double value) {
  const QSignalBlocker quiet(number_), quiet_too(slider_);
  number_->setValue(value);
  slider_->setValue(static_cast<int>(std::lround((value - what_.low) / what_.step)));
}

double WeightsRow::value() const { return number_->value(); }

}  // namespace leeward::window
